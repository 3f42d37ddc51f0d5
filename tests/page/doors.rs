//! Who may come in, and that no path leads to a file.

use std::net::{SocketAddr, TcpStream, UdpSocket};
use std::process::Command;
use std::time::Duration;

use crate::served::{Folder, Served};

#[test]
fn only_the_page_s_own_names_are_answered() {
    let page = Served::samples();
    let port = page.port;
    for host in [format!("127.0.0.1:{port}"), format!("localhost:{port}"), format!("LOCALHOST:{port}")] {
        page.bare("/", &[&format!("Host: {host}")]).is(200);
        page.bare("/state", &[&format!("Host: {host}"), &format!("Origin: http://{host}")]).is(200);
    }
    let other = port ^ 1;
    let foreign = [
        "Host: evil.example".to_string(),
        format!("Host: evil.example:{port}"),
        "Host: 127.0.0.1".to_string(),
        format!("Host: 127.0.0.1:{other}"),
        "Host: localhost".to_string(),
        format!("Host: 127.0.0.1:{port}.evil.example"),
        format!("Host: 0.0.0.0:{port}"),
        format!("Host: [::1]:{port}"),
        "Host:".to_string(),
        format!("Host: evil.example\r\nHost: 127.0.0.1:{port}"),
        format!("Host: 127.0.0.1:{port}\r\nHost: evil.example"),
        "X-Forwarded-Host: evil.example".to_string(),
    ];
    for lines in &foreign {
        for target in ["/", "/assets/main.js", "/state", "/files/x.svg", "/nothing"] {
            let answer = page.bare(target, &[lines]).is(403);
            assert_eq!(answer.json()["way_out"], "open the address that was printed", "{lines}");
            assert!(answer.json()["error"].as_str().unwrap().contains("this machine's own address"), "{lines}");
        }
    }
}

#[test]
fn another_site_s_page_is_refused() {
    let page = Served::samples();
    let host = format!("Host: {}", page.host());
    for line in [
        "Origin: http://evil.example".to_string(),
        "Origin: null".to_string(),
        format!("Origin: https://127.0.0.1:{}", page.port),
        format!("Origin: http://127.0.0.1:{}", page.port ^ 1),
        format!("Origin: http://127.0.0.1:{}\r\nOrigin: http://evil.example", page.port),
        "Sec-Fetch-Site: cross-site".to_string(),
        "Sec-Fetch-Site: same-site".to_string(),
    ] {
        for target in ["/", "/state", "/assets/main.js"] {
            let answer = page.bare(target, &[&host, &line]).is(403);
            assert!(answer.json()["error"].as_str().unwrap().contains("another site"), "{line}");
        }
    }
    for site in ["same-origin", "none"] {
        page.bare("/state", &[&host, &format!("Sec-Fetch-Site: {site}")]).is(200);
    }
    // a form of another site needs no permission to send, so it must not be heard
    let before = page.on_disk();
    let body = r#"{"base":1,"edits":[{"kind":"drop","lens":1,"ring":"focus","row":0}]}"#;
    for kind in ["application/json", "text/plain"] {
        let head = format!(
            "POST /edit HTTP/1.1\r\n{host}\r\nOrigin: http://evil.example\r\nConnection: close\r\nContent-Type: {kind}\r\n\
             Content-Length: {}\r\n\r\n{body}",
            body.len()
        );
        page.raw(head.as_bytes()).unwrap().is(403);
    }
    assert_eq!(page.on_disk(), before);
}

#[test]
fn no_other_address_of_this_machine_is_listened_on() {
    let page = Served::samples();
    let reach = |address: SocketAddr| TcpStream::connect_timeout(&address, Duration::from_secs(2));
    reach(SocketAddr::from(([127, 0, 0, 1], page.port))).unwrap();
    // all of 127/8 is this machine on Linux, and only there
    #[cfg(target_os = "linux")]
    reach(SocketAddr::from(([127, 0, 0, 2], page.port))).unwrap_err();
    // no packet is sent: the system only says from which address it would be
    let own = UdpSocket::bind("0.0.0.0:0").and_then(|socket| {
        socket.connect("192.0.2.1:9")?;
        socket.local_addr()
    });
    if let Ok(own) = own {
        reach(SocketAddr::new(own.ip(), page.port)).unwrap_err();
    }
}

#[test]
fn no_path_leads_to_a_file_on_disk() {
    let page = Served::samples();
    let host = format!("Host: {}", page.host());
    let absolute = page.set.display().to_string();
    for target in [
        "/../etc/passwd",
        "/../../../../etc/passwd",
        "/assets/../../etc/passwd",
        "/assets/..%2f..%2fetc/passwd",
        "/assets/..%2f..%2fetc%2fpasswd",
        "/assets/%2e%2e%2fSET.toml",
        "/assets/..%5cSET.toml",
        "/assets/",
        "/assets/main.js%00.png",
        "/files/..%2fSET.toml",
        "/files/../SET.toml",
        "/files/SET.toml",
        "/files/.%2fSET.toml",
        "/files/marble-85.csv",
        "/files/%00",
        "/files/SET.toml%00.svg",
        "/files/%ff%fe",
        "/files/",
        "/files//etc/passwd",
        "/files/%2fetc%2fpasswd",
        &format!("/files/{}", absolute.replace('/', "%2f")),
        "/SET.toml",
        "/%2e%2e/SET.toml",
        "//etc/passwd",
        "/etc/passwd",
        "/%00",
        "http://evil.example/",
        "http://evil.example/state",
        "http://127.0.0.1/state",
        &format!("http://127.0.0.1:{}/../etc/passwd", page.port),
        "file:///etc/passwd",
        "*",
    ] {
        let answer = page.bare(target, &[&host]);
        assert!((400..500).contains(&answer.status), "{target}: {} {}", answer.status, answer.text());
        for content in ["root:", "Quarry", "Slate 28", "old ring", "distance"] {
            assert!(!answer.text().contains(content), "{target}: {}", answer.text());
        }
    }
    // that the guard against foreign names does not answer for all of them
    page.bare("/files/SET.toml", &[&host]).is(404);
    page.bare("/files/..%2fSET.toml", &[&host]).is(400);
}

#[test]
fn every_answer_forbids_what_the_page_does_not_need() {
    let page = Served::samples();
    let host = format!("Host: {}", page.host());
    let answers = [
        page.get("/").is(200),
        page.get("/assets/main.js").is(200),
        page.get("/state").is(200),
        page.get("/lens?lens=0").is(200),
        page.get("/lens?lens=99").is(404),
        page.get("/lens?lens=x").is(400),
        page.get("/nothing").is(404),
        page.get("/edit").is(405),
        page.get("/files/%ff").is(400),
        page.bare("/", &["Host: evil.example"]).is(403),
        page.bare("/", &[&host, "Content-Length: 99999999"]).is(413),
        page.act("/edit", &serde_json::json!({ "edits": [] })).is(409),
        page.post("/edit", "text/plain", b"{}").is(415),
    ];
    for answer in &answers {
        let policy = answer.header("content-security-policy").unwrap_or_else(|| panic!("{}", answer.head));
        assert!(policy.starts_with("default-src 'none'"), "{policy}");
        assert!(!policy.contains("unsafe") && !policy.contains('*') && !policy.contains("http"), "{policy}");
        for part in ["frame-ancestors 'none'", "base-uri 'none'", "form-action 'none'", "script-src 'self'"] {
            assert!(policy.contains(part), "{policy}");
        }
        for (name, value) in [
            ("x-content-type-options", "nosniff"),
            ("referrer-policy", "no-referrer"),
            ("cache-control", "no-store"),
            ("cross-origin-resource-policy", "same-origin"),
            ("cross-origin-opener-policy", "same-origin"),
        ] {
            assert_eq!(answer.header(name), Some(value), "{}", answer.head);
        }
        assert_eq!(answer.header("access-control-allow-origin"), None);
    }
}

#[test]
fn the_page_itself_asks_for_nothing_that_its_policy_forbids() {
    let page = Served::samples();
    let html = page.get("/").is(200).text();
    for word in ["style=", "onclick=", "onload=", "<style", "javascript:", "http://", "https://"] {
        assert!(!html.contains(word), "{word} in the page");
    }
    let mut found = 0;
    for part in html.split(['"', '\'']).filter(|part| part.starts_with("/assets/")) {
        page.get(part).is(200);
        found += 1;
    }
    assert!(found >= 3, "{found} files of the page's own");
}

#[test]
fn a_port_that_is_taken_is_told_with_a_way_out() {
    let page = Served::samples();
    let folder = Folder::with_samples();
    let second = Command::new(env!("CARGO_BIN_EXE_ringwright"))
        .arg("page")
        .arg(folder.0.join("SET.toml"))
        .args(["--no-open", "--port", &page.port.to_string()])
        .output()
        .unwrap();
    assert_eq!(second.status.code(), Some(2));
    assert!(second.stdout.is_empty());
    let words = String::from_utf8(second.stderr).unwrap();
    assert!(words.contains("the page cannot be served") && words.contains("choose another port"), "{words}");
}
