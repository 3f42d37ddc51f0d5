//! Too much, too large, too slow and nonsense: the program lives on and its memory stays flat.

use std::io::{BufReader, Write};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::json;

use crate::served::{Answer, Served, answer};

const MEGABYTE: usize = 1 << 20;

/// Sends a head and then zeros, as long as they are taken.
fn pour(page: &Served, head: &str, chunk_head: &str, bytes: usize) -> (usize, std::io::Result<Answer>) {
    let mut stream = page.connect();
    stream.write_all(head.as_bytes()).unwrap();
    let block =
        [chunk_head.as_bytes(), &vec![b'0'; 1 << 16], if chunk_head.is_empty() { b"" } else { b"\r\n" }].concat();
    let mut sent = 0;
    while sent < bytes && stream.write_all(&block).is_ok() {
        sent += 1 << 16;
    }
    (sent, answer(&mut BufReader::new(stream)))
}

#[test]
fn a_body_of_a_hundred_megabytes_is_refused_and_not_kept() {
    let mut page = Served::samples();
    page.get("/lens?lens=3").is(200);
    #[cfg(target_os = "linux")]
    let before = page.memory("VmHWM");
    let host = page.host();
    let head = format!("POST /edit HTTP/1.1\r\nHost: {host}\r\nContent-Type: application/json\r\n");
    for (rest, chunk) in
        [("Content-Length: 104857600\r\n\r\n", ""), ("Transfer-Encoding: chunked\r\n\r\n", "10000\r\n")]
    {
        let (sent, told) = pour(&page, &format!("{head}{rest}"), chunk, 100 * MEGABYTE);
        // whoever still sends when the connection is closed may not get to read why
        match told {
            Ok(told) => assert_eq!(told.status, 413, "{}", told.text()),
            Err(error) => assert!(sent < 100 * MEGABYTE, "{sent} bytes were swallowed without a word: {error}"),
        }
        assert!(sent <= 32 * MEGABYTE, "{sent} bytes were taken");
        page.lives();
    }
    // one that waits after the head is told
    let told = page.raw(format!("{head}Content-Length: 104857600\r\n\r\n").as_bytes()).unwrap().is(413);
    assert!(told.json()["error"].as_str().unwrap().contains("too large"));
    assert_eq!(told.header("connection"), Some("close"));
    #[cfg(target_os = "linux")]
    {
        let grown = page.memory("VmHWM").saturating_sub(before);
        assert!(grown < 8 * MEGABYTE as u64, "{grown} bytes more");
    }
}

#[test]
fn two_hundred_requests_at_once_are_answered_or_put_off_politely() {
    let mut page = Served::samples();
    let name = page.get("/files").is(200).json()["files"]
        .as_array()
        .unwrap()
        .iter()
        .find_map(|name| name.as_str().filter(|name| name.ends_with(".png")).map(str::to_string));
    let png = format!("/files/{}", name.unwrap());
    let targets = ["/lens?lens=3", "/check", &png, "/state", "/plot?lens=1"];
    let told: Vec<(&str, Answer)> = thread::scope(|scope| {
        let asked: Vec<_> = (0..200)
            .map(|i| {
                let (page, target) = (&page, targets[i % targets.len()]);
                scope.spawn(move || (target, page.get(target)))
            })
            .collect();
        asked.into_iter().map(|one| one.join().unwrap()).collect()
    });
    assert_eq!(told.len(), 200);
    let mut answered = 0;
    for (target, told) in &told {
        match told.status {
            200 => answered += 1,
            503 => assert_eq!(told.header("retry-after"), Some("1"), "{target}"),
            other => panic!("{target}: {other} {}", told.text()),
        }
    }
    assert!(answered >= 30, "{answered} of 200");
    let begun = Instant::now();
    page.lives();
    assert!(begun.elapsed() < Duration::from_secs(5), "{:?}", begun.elapsed());
    page.edit(json!([{ "kind": "put", "table": "style", "key": "tick_width", "text": "0.3 mm" }]), "").is(200);
}

#[test]
fn twenty_listeners_leave_room_for_work_and_hear_of_it() {
    let mut page = Served::samples();
    let news = page.state()["news"].as_u64().unwrap();
    let target = format!("/news?since={news}");
    let told: Vec<Answer> = thread::scope(|scope| {
        let page = &page;
        let asked: Vec<_> = (0..20).map(|_| scope.spawn(|| page.get(&target))).collect();
        thread::sleep(Duration::from_millis(500));
        page.edit(json!([{ "kind": "put", "table": "style", "key": "tick_width", "text": "0.3 mm" }]), "").is(200);
        asked.into_iter().map(|one| one.join().unwrap()).collect()
    });
    let heard = told.iter().filter(|told| told.status == 200).count();
    assert!(heard >= 8, "{heard} heard");
    for told in &told {
        match told.status {
            200 => assert!(told.json()["news"].as_u64().unwrap() > news, "{}", told.text()),
            503 => assert_eq!(told.header("retry-after"), Some("1")),
            other => panic!("{other} {}", told.text()),
        }
    }
    page.lives();
}

#[test]
fn nonsense_on_the_line_ends_only_itself() {
    let mut page = Served::samples();
    let host = page.host();
    let own = format!("Host: {host}\r\n");
    let many: String = (0..10_000).map(|i| format!("X-{i}: {i}\r\n")).collect();
    let long = "x".repeat(MEGABYTE);
    let wild: Vec<u8> = (0..100_000_u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    let requests: Vec<Vec<u8>> = vec![
        b"GET / HT".to_vec(),
        b"GET /state HTTP/1.1\r\n".to_vec(),
        b"\r\n\r\n".to_vec(),
        b"\0\0\0\0".to_vec(),
        wild,
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03".to_vec(),
        b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n".to_vec(),
        format!("GET / HTTP/1.1\r\n{own}{many}\r\n").into_bytes(),
        format!("GET /{long} HTTP/1.1\r\n{own}\r\n").into_bytes(),
        format!("GET /?{long} HTTP/1.1\r\n{own}\r\n").into_bytes(),
        format!("GET / HTTP/1.1\r\n{own}X-Long: {long}\r\n\r\n").into_bytes(),
        format!("GET / HTTP/9.9\r\n{own}\r\n").into_bytes(),
        format!("G\u{1} / HTTP/1.1\r\n{own}\r\n").into_bytes(),
        format!("POST /edit HTTP/1.1\r\n{own}Content-Length: -5\r\n\r\n").into_bytes(),
        format!("POST /edit HTTP/1.1\r\n{own}Content-Length: 3\r\nContent-Length: 4\r\n\r\n{{}}").into_bytes(),
        format!("POST /edit HTTP/1.1\r\n{own}Transfer-Encoding: chunked\r\n\r\nzz\r\n").into_bytes(),
        format!("POST /edit HTTP/1.1\r\n{own}Transfer-Encoding: chunked\r\n\r\nffffffffffffffff\r\n").into_bytes(),
    ];
    for bytes in &requests {
        let mut stream = page.connect();
        let _ = stream.write_all(bytes);
        let _ = stream.shutdown(std::net::Shutdown::Write);
        if let Ok(told) = answer(&mut BufReader::new(stream)) {
            let begin = String::from_utf8_lossy(&bytes[..bytes.len().min(80)]);
            assert!((400..500).contains(&told.status) || begin.contains("GET /?"), "{begin}: {}", told.head);
        }
        page.lives();
    }
}

#[test]
fn the_slow_and_those_who_never_finish_keep_nobody_else_waiting() {
    let mut page = Served::samples();
    let host = page.host();
    // more than have room at once, each with a body that does not come
    let mut waiting = Vec::new();
    for i in 0..100 {
        let mut stream = page.connect();
        let whole = match i % 3 {
            0 => format!(
                "POST /edit HTTP/1.1\r\nHost: {host}\r\nContent-Type: application/json\r\nContent-Length: 50\r\n\r\n{{"
            ),
            1 => format!("GET /state HTTP/1.1\r\nHost: {host}\r\nX-Half"),
            _ => "GE".to_string(),
        };
        stream.write_all(whole.as_bytes()).unwrap();
        waiting.push(stream);
    }
    let begun = Instant::now();
    while page.get("/state").status != 200 {
        assert!(begun.elapsed() < Duration::from_secs(15), "they keep the page shut");
        thread::sleep(Duration::from_millis(100));
    }
    let told = answer(&mut BufReader::new(&waiting[0])).unwrap();
    assert!(told.status == 408 || told.status == 503, "{}", told.head);
    // one byte after the other is a request all the same
    let mut stream = page.connect();
    for byte in format!("GET /state HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").bytes() {
        stream.write_all(&[byte]).unwrap();
        thread::sleep(Duration::from_millis(5));
    }
    assert_eq!(answer(&mut BufReader::new(stream)).unwrap().status, 200);
    drop(waiting);
    page.lives();
}
