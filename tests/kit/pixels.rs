//! A PNG read back with the decoder, as greys.

/// One picture.
pub struct Picture {
    /// Pixels in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Row by row, 0 black to 255 white.
    pub greys: Vec<u8>,
}

impl Picture {
    /// The grey at a place.
    pub fn at(&self, x: usize, y: usize) -> u8 {
        self.greys[y * self.width + x]
    }

    /// Whether a pixel is half covered or more.
    pub fn is_black(&self, x: usize, y: usize) -> bool {
        self.at(x, y) < 128
    }
}

/// Decodes a PNG of any colour type; colours are averaged, which changes nothing in a black drawing.
pub fn decode(bytes: &[u8]) -> Picture {
    let mut decoder = png::Decoder::new(std::io::Cursor::new(bytes));
    decoder.set_transformations(png::Transformations::EXPAND);
    let mut reader = decoder.read_info().expect("a PNG");
    let mut data = vec![0; reader.output_buffer_size().expect("a size that fits")];
    let frame = reader.next_frame(&mut data).expect("complete image data");
    let (width, height) = (frame.width as usize, frame.height as usize);
    let (samples, colours) = match frame.color_type {
        png::ColorType::Grayscale => (1, 1),
        png::ColorType::Rgb => (3, 3),
        png::ColorType::Rgba => (4, 3),
        other => panic!("unexpected colour type {other:?}"),
    };
    assert_eq!(frame.bit_depth, png::BitDepth::Eight);
    let greys = data
        .chunks_exact(samples)
        .map(|pixel| (pixel[..colours].iter().map(|v| u32::from(*v)).sum::<u32>() / colours as u32) as u8)
        .collect();
    Picture { width, height, greys }
}
