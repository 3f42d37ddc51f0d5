//! The formats of drawings.

use std::fmt;

/// A file format of drawings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Format {
    /// Scalable vector graphics, millimetres.
    Svg,
    /// Pixels at a stated resolution.
    Png,
    /// One page a sheet.
    Pdf,
    /// For cutters and engravers.
    Dxf,
}

impl Format {
    /// Every format, in the order in which they are offered.
    pub const ALL: [Format; 4] = [Format::Svg, Format::Png, Format::Pdf, Format::Dxf];

    /// The same in the order in which files are written.
    pub const WRITTEN: [Format; 4] = [Format::Dxf, Format::Png, Format::Svg, Format::Pdf];

    /// The word for it on the command line, and the ending of its files' names.
    pub fn ending(self) -> &'static str {
        match self {
            Format::Svg => "svg",
            Format::Png => "png",
            Format::Pdf => "pdf",
            Format::Dxf => "dxf",
        }
    }
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.ending())
    }
}
