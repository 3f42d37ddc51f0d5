//! The page's server, asked as a browser asks it and as nobody should.

mod served;

use std::io::Write;
use std::net::TcpStream;
use std::process::Command;
use std::sync::Arc;

use proptest::prelude::*;
use serde_json::{Value, json};
use served::{Served, folder};

fn ringwright(page: &Served, arguments: &[&str]) -> (Option<i32>, Vec<u8>, String) {
    let run =
        Command::new(env!("CARGO_BIN_EXE_ringwright")).args(arguments).current_dir(&page.folder).output().unwrap();
    (run.status.code(), run.stdout, String::from_utf8(run.stderr).unwrap())
}

/// The lines that differ, `-` before and `+` after.
fn changed(before: &str, after: &str) -> Vec<String> {
    let (before, after): (Vec<&str>, Vec<&str>) = (before.lines().collect(), after.lines().collect());
    let gone = before.iter().filter(|line| !after.contains(line)).map(|line| format!("-{line}"));
    let come = after.iter().filter(|line| !before.contains(line)).map(|line| format!("+{line}"));
    gone.chain(come).collect()
}

#[test]
fn only_the_pages_own_address_is_answered() {
    let page = Served::samples("address");
    let (host, port) = (page.host.clone(), page.port().to_string());
    for own in [
        format!("Host: {host}\r\n"),
        format!("Host: localhost:{port}\r\n"),
        format!("Host: {host}\r\nOrigin: http://{host}\r\n"),
    ] {
        assert_eq!(page.with_headers(&own).status, 200, "{own}");
    }
    for foreign in [
        "Host: quarry.example\r\n".to_string(),
        "Host: 127.0.0.1\r\n".to_string(),
        "Host: 127.0.0.1:1\r\n".to_string(),
        format!("Host: quarry.example:{port}\r\n"),
        format!("Host: {host}.quarry.example\r\n"),
        format!("Host: {host}\r\nHost: quarry.example\r\n"),
        format!("Host: {host}\r\nOrigin: http://quarry.example\r\n"),
        format!("Host: {host}\r\nOrigin: https://{host}\r\n"),
        format!("Host: {host}\r\nOrigin: null\r\n"),
        format!("Host: {host}\r\nSec-Fetch-Site: cross-site\r\n"),
    ] {
        let answer = page.with_headers(&foreign);
        assert_eq!(answer.status, 403, "{foreign}");
        assert!(!answer.error().is_empty());
    }
    assert!(page.with_headers("").status >= 400, "a request without a host");
    assert_eq!(page.get("/state").status, 200);
}

#[test]
fn it_listens_on_this_machine_only() {
    let page = Served::samples("loopback");
    // another address of the loopback net is not the one that is bound
    assert!(TcpStream::connect(format!("127.0.0.2:{}", page.port())).is_err());
    assert!(page.host.starts_with("127.0.0.1:"));
}

#[test]
fn no_path_leads_to_a_file_on_disk() {
    let page = Served::samples("paths");
    std::fs::write(page.folder.join("secret.txt"), "hidden words").unwrap();
    for path in [
        "/../secret.txt",
        "/assets/../secret.txt",
        "/assets/..%2fsecret.txt",
        "/assets/%2e%2e%2fsecret.txt",
        "/secret.txt",
        "/files/secret.txt",
        "/files/..%2fsecret.txt",
        "/files/%2e%2e%2f%2e%2e%2fetc%2fpasswd",
        "/files/SET.toml",
        "/files/.hidden",
        "/files/SET.toml%00.svg",
        "/assets/page.css/../../secret.txt",
        "//etc/passwd",
        "/files/%5c..%5csecret.txt",
    ] {
        let answer = page.get(path);
        assert!((400..500).contains(&answer.status), "{path}: {}", answer.status);
        let body = String::from_utf8_lossy(&answer.body).into_owned();
        assert!(!body.contains("hidden words") && !body.contains("root:") && !body.contains("[[lens]]"), "{path}");
    }
    assert_eq!(page.get("/assets/page.css").status, 200);
}

#[test]
fn every_answer_allows_scripts_and_styles_of_its_own_only() {
    let page = Served::samples("policy");
    for path in ["/", "/assets/main.js", "/state", "/nothing", "/files/granite-50-focus.svg"] {
        let head = page.get(path).head;
        assert!(head.contains("content-security-policy: default-src 'none'"), "{path}");
        let policy = head.lines().find(|line| line.starts_with("content-security-policy")).unwrap();
        assert!(!["unsafe", "http:", "*"].iter().any(|lax| policy.contains(lax)), "{policy}");
        assert!(head.contains("x-content-type-options: nosniff") && head.contains("frame-ancestors 'none'"), "{path}");
    }
    // and the page itself asks for nothing else
    let html = String::from_utf8(page.get("/").body).unwrap();
    assert!(
        !html.contains("http://")
            && !html.contains("https://")
            && !html.contains("style=")
            && !html.contains("<script>")
    );
}

fn memory_kib(page: &Served, key: &str) -> Option<u64> {
    let status = std::fs::read_to_string(format!("/proc/{}/status", page.process())).ok()?;
    status.lines().find(|line| line.starts_with(key))?.split_whitespace().nth(1)?.parse().ok()
}

#[test]
fn a_hundred_megabytes_are_refused_and_take_no_memory() {
    let page = Served::samples("large");
    page.get("/state");
    let before = memory_kib(&page, "VmHWM:");
    let mut large = format!(
        "POST /edit HTTP/1.1\r\nHost: {}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n",
        page.host,
        100 << 20
    )
    .into_bytes();
    large.resize(large.len() + (100 << 20), b'x');
    if let Some(answer) = page.raw(&large) {
        assert_eq!(answer.status, 413);
        assert!(answer.error().contains("too large"), "{}", answer.error());
    }
    let mut chunked = format!(
        "POST /edit HTTP/1.1\r\nHost: {}\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n",
        page.host
    )
    .into_bytes();
    let chunk = [b"100000\r\n".as_slice(), &vec![b'x'; 1 << 20], b"\r\n"].concat();
    (0..100).for_each(|_| chunked.extend(&chunk));
    if let Some(answer) = page.raw(&chunked) {
        assert_eq!(answer.status, 413);
    }
    // what is said without sending it is refused in words
    let said = format!(
        "POST /edit HTTP/1.1\r\nHost: {}\r\nContent-Type: application/json\r\nContent-Length: 104857600\r\nConnection: close\r\n\r\n",
        page.host
    );
    let answer = page.raw(said.as_bytes()).expect("a refusal");
    assert_eq!((answer.status, answer.error().contains("a megabyte")), (413, true));
    if let (Some(before), Some(after)) = (before, memory_kib(&page, "VmHWM:")) {
        assert!(after < before + 16 * 1024, "from {before} to {after} KiB");
    }
    assert_eq!(page.get("/state").status, 200);
}

#[test]
fn two_hundred_at_once_get_an_answer_or_are_told_to_come_again() {
    let page = Arc::new(Served::samples("crowd"));
    let paths = ["/lens?lens=1", "/check", "/files/granite-50-focus.png", "/state", "/strips?lens=2", "/sheets"];
    let crowd: Vec<_> = (0..200)
        .map(|i| {
            let page = Arc::clone(&page);
            std::thread::spawn(move || {
                let answer = page.get(paths[i % paths.len()]);
                (answer.status, answer.head.contains("retry-after"))
            })
        })
        .collect();
    let answers: Vec<(u16, bool)> = crowd.into_iter().map(|one| one.join().unwrap()).collect();
    assert!(answers.iter().all(|(status, again)| *status == 200 || (*status == 503 && *again)), "{answers:?}");
    assert!(answers.iter().any(|(status, _)| *status == 200));
    assert_eq!(page.get("/lens?lens=1").status, 200);
}

#[test]
fn broken_requests_and_slow_clients_do_not_end_it() {
    let page = Served::samples("broken");
    let _ = page.raw(b"\x00\x01\x02garbage\r\n\r\n");
    TcpStream::connect(&page.host).unwrap().write_all(b"GET").unwrap();
    let _ = page.raw(
        format!("GET /{} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n", "a".repeat(1 << 20), page.host).as_bytes(),
    );
    let headers: String = (0..10_000).map(|i| format!("X-{i}: 1\r\n")).collect();
    let _ = page
        .raw(format!("GET /state HTTP/1.1\r\nHost: {}\r\n{headers}Connection: close\r\n\r\n", page.host).as_bytes());
    // many that say half a sentence and wait
    let waiting: Vec<TcpStream> = (0..100)
        .map(|_| {
            let mut stream = TcpStream::connect(&page.host).unwrap();
            stream.write_all(b"GET /state HTTP/1.1\r\nHos").unwrap();
            stream
        })
        .collect();
    assert_eq!(page.get("/state").status, 200);
    drop(waiting);
    assert_eq!(page.get("/lens?lens=0").status, 200);
}

#[test]
fn a_keystroke_changes_its_line_and_nothing_else_and_comes_back_as_artwork() {
    let page = Served::samples("keystroke");
    let before = page.file();
    let answer = page.keystroke(4, "at", "32.4 deg");
    assert_eq!(answer.status, 200);
    assert_eq!(
        changed(&before, &page.file()),
        ["-    { distance = \"1.5 m\",  at = \"32.3 deg\" },", "+    { distance = \"1.5 m\",  at = \"32.4 deg\" },"]
    );
    let told = answer.json();
    assert!(told["lens"]["rings"][0]["shapes"].as_array().unwrap().len() > 50);
    assert_eq!(told["lens"]["fit"]["rows"].as_array().unwrap().len(), 9);
    // the command line reads the same file and says the same
    let (code, fit, _) = ringwright(&page, &["fit", "SET.toml", "--lens", "Granite 50", "--format", "json"]);
    assert_eq!(code, Some(0));
    let fit: Value = serde_json::from_slice(&fit).unwrap();
    let residual = &fit["lenses"][0]["focus"]["residuals"][4];
    let words = told["lens"]["fit"]["rows"][4]["words"].as_str().unwrap();
    let (deg, mm) = (residual["error_deg"].as_f64().unwrap(), residual["error_mm"].as_f64().unwrap());
    assert_eq!(words, format!("{deg:+.2}°, {mm:+.2} mm"));
}

#[test]
fn keystrokes_in_a_field_are_one_step_back_and_undo_brings_the_very_bytes() {
    let page = Served::samples("undo");
    let before = page.file();
    for typed in ["3", "32", "32.", "32.6", "32.6 d", "32.6 deg"] {
        assert_eq!(page.keystroke(4, "at", typed).status, 200, "{typed}");
    }
    page.edit(json!([{ "kind": "put", "table": "style", "key": "numeral_height", "text": "2.2 mm" }]), "");
    page.edit(json!([{ "kind": "drop", "lens": 1, "ring": "focus", "row": 0 }]), "");
    let last = page.file();
    let step = |path: &str| page.post(path, &json!({ "base": page.version(), "lens": 1 })).status;
    assert_eq!([step("/undo"), step("/undo"), step("/undo")], [200; 3]);
    assert_eq!(page.file(), before);
    assert_eq!(page.state()["undo"], Value::Null);
    assert_eq!([step("/redo"), step("/redo"), step("/redo")], [200; 3]);
    assert_eq!(page.file(), last);
}

#[test]
fn a_set_that_cannot_be_read_keeps_its_artwork_and_names_the_field() {
    let page = Served::samples("fault");
    let told = page.keystroke(3, "distance", "2.5").json();
    let fault = &told["state"]["faults"][0];
    assert_eq!(fault["place"], "lens.1.focus.readings.3.distance");
    assert_eq!(fault["label"], "did you mean \"2.5 m\"?");
    assert!(told["lens"]["rings"][0]["shapes"].as_array().unwrap().len() > 50);
    assert_eq!(page.get("/files/granite-50-focus.svg").status, 422);
    // a readings file's faults are found at their cells as well
    page.post("/undo", &json!({ "base": page.version() }));
    let edits = json!([{ "kind": "cell", "lens": 2, "ring": "focus", "row": 0, "column": "at", "text": "half" }]);
    let told = page.edit(edits, "").json();
    assert_eq!(told["state"]["faults"][0]["place"], "lens.2.focus.readings.0.at");
}

#[test]
fn what_is_changed_elsewhere_meanwhile_is_not_written_over() {
    let page = Served::samples("stale");
    let base = page.version();
    let body = |text: &str| json!({ "base": base, "edits": [{ "kind": "put", "table": "lens", "lens": 0, "key": "focal_length", "text": text }] });
    assert_eq!(page.post("/edit", &body("29 mm")).status, 200);
    let file = page.file();
    let late = page.post("/edit", &body("30 mm"));
    assert_eq!(late.status, 409);
    assert_eq!(late.json()["state"]["values"]["lens.0.focal_length"], "29 mm");
    assert_eq!(page.file(), file);
}

#[test]
fn a_change_on_disk_is_noticed_offered_and_within_reach_of_undo() {
    let page = Served::samples("disk");
    let (path, mine) = (page.folder.join("SET.toml"), page.file());
    let theirs = mine.replace("28 mm", "27 mm");
    std::fs::write(&path, &theirs).unwrap();
    let refused = page.keystroke(4, "at", "33 deg");
    assert_eq!(refused.status, 409);
    assert_eq!(page.file(), theirs);
    page.wait(|state| state["elsewhere"]["gone"] == false);
    let keep = page.post("/settle", &json!({ "theirs": false })).json();
    assert_eq!((page.file(), &keep["state"]["elsewhere"]), (mine.clone(), &Value::Null));
    page.post("/undo", &json!({ "base": page.version() }));
    assert_eq!(page.file(), theirs, "the other version is within reach");

    std::fs::write(&path, &mine).unwrap();
    page.wait(|state| state["elsewhere"]["gone"] == false);
    let taken = page.post("/settle", &json!({ "theirs": true })).json();
    assert_eq!(taken["state"]["values"]["lens.0.focal_length"], "28 mm");
    assert_eq!(page.file(), mine);

    std::fs::remove_file(&path).unwrap();
    page.wait(|state| state["elsewhere"]["gone"] == true);
    assert_eq!(page.keystroke(4, "at", "33 deg").status, 409);
    page.post("/settle", &json!({ "theirs": false }));
    assert_eq!(page.file(), mine);
    assert_eq!(page.keystroke(4, "at", "33 deg").status, 200);
}

#[test]
fn a_readings_file_changed_on_disk_is_noticed_too() {
    let page = Served::samples("disk-csv");
    let path = page.folder.join("marble-85.csv");
    let theirs = std::fs::read_to_string(&path).unwrap() + "# looked at again\n";
    std::fs::write(&path, &theirs).unwrap();
    page.wait(|state| state["elsewhere"]["gone"] == false);
    page.post("/settle", &json!({ "theirs": true }));
    let edits = json!([{ "kind": "cell", "lens": 2, "ring": "focus", "row": 1, "column": "distance", "text": "9 m" }]);
    assert_eq!(page.edit(edits, "").status, 200);
    let after = std::fs::read_to_string(&path).unwrap();
    assert_eq!(changed(&theirs, &after).len(), 2, "{after}");
    assert!(after.contains("# looked at again"));
}

#[cfg(unix)]
#[test]
fn what_cannot_be_saved_is_said_and_saved_when_it_can() {
    use std::os::unix::fs::PermissionsExt;
    let page = Served::samples("locked");
    let path = page.folder.join("SET.toml");
    let set = |mode: u32| std::fs::set_permissions(&path, std::fs::Permissions::from_mode(mode)).unwrap();
    set(0o444);
    let told = page.keystroke(4, "at", "32.7 deg").json();
    assert!(told["state"]["not_saved"].as_str().unwrap().contains("write-protected"), "{}", told["state"]["not_saved"]);
    assert!(!page.file().contains("32.7 deg"));
    set(0o644);
    page.wait(|state| state["not_saved"] == Value::Null);
    assert!(page.file().contains("32.7 deg"));
}

#[test]
fn the_last_keystroke_outlives_the_program() {
    let mut page = Served::samples("kill");
    assert_eq!(page.keystroke(4, "at", "32.9 deg").status, 200);
    page.kill();
    assert!(page.file().contains("at = \"32.9 deg\""));
    let (code, ..) = ringwright(&page, &["fit", "SET.toml"]);
    assert_eq!(code, Some(0));
}

#[test]
fn only_the_pages_own_fields_can_be_changed() {
    let page = Served::samples("fields");
    let before = page.file();
    for edits in [
        json!([{ "kind": "put", "table": "lens.focus", "key": "readings_file", "lens": 1, "text": "/etc/passwd" }]),
        json!([{ "kind": "put", "table": "style", "key": "typeface", "text": "/etc/passwd" }]),
        json!([{ "kind": "cell", "lens": 1, "ring": "focus", "row": 0, "column": "read_on", "text": "62 mm" }]),
        json!([{ "kind": "cell", "lens": 9, "ring": "focus", "row": 0, "column": "at", "text": "1 deg" }]),
        json!([{ "kind": "drop", "lens": 1, "ring": "focus", "row": 99 }]),
        json!([{ "kind": "burn" }]),
        json!([{ "kind": "put", "table": "style", "key": "numeral_height", "text": "2 mm" }, { "kind": "burn" }]),
    ] {
        let answer = page.edit(edits.clone(), "");
        assert_eq!(answer.status, 422, "{edits}");
        assert!(!answer.error().is_empty());
    }
    assert_eq!(page.post_text("/edit", "text/plain", "{}").status, 415);
    assert_eq!(page.post_text("/edit", "application/json", "{").status, 400);
    assert_eq!(page.get("/edit").status, 405);
    assert_eq!(page.get("/lens?lens=99").status, 404);
    assert_eq!(page.get("/lens?lens=x").status, 400);
    assert_eq!(page.get("/state?process=paint").status, 400);
    assert_eq!(page.file(), before);
}

#[test]
fn a_spreadsheets_rows_are_pasted_over_and_behind_the_readings() {
    let page = Served::samples("paste");
    let text = "distance\tring\r\n0.45\t118.4\r\n2 m\t25.1\r\n";
    let edits = json!([{ "kind": "paste", "lens": 1, "ring": "focus", "row": 8, "rows": 9, "column": "distance", "text": text, "unit": "m" }]);
    assert_eq!(page.edit(edits, "").status, 200);
    let rows = page.state()["lenses"][1]["focus"].clone();
    assert_eq!(rows[8]["cells"], json!({ "distance": "0.45 m", "at": "118.4 deg" }));
    assert_eq!(rows[9]["cells"], json!({ "distance": "2 m", "at": "25.1 deg" }));
    assert_eq!(page.state()["faults"], json!([]));
}

#[test]
fn every_file_is_the_one_that_draw_writes() {
    for process in ["film", "vinyl", "engrave"] {
        let page = Served::samples(&format!("files-{process}"));
        let listed = page.get(&format!("/files?process={process}")).json();
        let (code, _, said) = ringwright(
            &page,
            &["draw", "SET.toml", "--out", "strips", "--process", process, "--format", "svg,png,pdf,dxf"],
        );
        assert_eq!(code, Some(0), "{said}");
        let names: Vec<&str> = listed["files"].as_array().unwrap().iter().map(|name| name.as_str().unwrap()).collect();
        assert_eq!(names.len(), std::fs::read_dir(page.folder.join("strips")).unwrap().count());
        for name in names {
            // a picture of 600 dots an inch takes a second in an unoptimised build; one of each kind of strip will do
            if name.ends_with(".png") && !name.starts_with("granite") {
                continue;
            }
            let answer = page.get(&format!("/files/{name}?process={process}"));
            assert_eq!(answer.status, 200, "{name}");
            let drawn = std::fs::read(page.folder.join("strips").join(name)).unwrap();
            assert!(answer.body == drawn, "{name} of {process} differs");
        }
    }
}

#[test]
fn what_stands_under_the_index_is_what_marks_says() {
    let page = Served::samples("under");
    let (_, marks, _) = ringwright(&page, &["marks", "SET.toml", "--format", "json"]);
    let marks: Value = serde_json::from_slice(&marks).unwrap();
    let mut compared = 0;
    for (lens, of) in marks["lenses"].as_array().unwrap().iter().enumerate() {
        for mark in of["focus"]["bands"][0]["marks"].as_array().unwrap() {
            let deg = mark["angle_deg"].as_f64().unwrap();
            let told = page.get(&format!("/at?lens={lens}&ring=focus&deg={deg}")).json();
            match mark["distance_mm"].as_f64() {
                None => assert_eq!(told["value"], "infinity"),
                Some(mm) => {
                    let under: f64 = told["distance"].as_str().unwrap().trim_end_matches(" mm").parse().unwrap();
                    assert!((under - mm).abs() < 1e-4 * mm, "{} {}: {under} and {mm}", of["name"], mark["label"]);
                    let there = page.get(&format!("/at?lens={lens}&ring=focus&distance={mm}%20mm")).json();
                    assert!((there["deg"].as_f64().unwrap() - deg).abs() < 2e-3);
                }
            }
            compared += 1;
        }
    }
    assert!(compared > 100, "{compared}");
    assert_eq!(page.get("/at?lens=1&ring=focus&deg=-90").status, 422);
    assert_eq!(page.get("/at?lens=1&ring=focus&deg=nan").status, 422);
    assert_eq!(page.get("/at?lens=1&ring=focus&distance=1").status, 422);
}

#[test]
fn broken_sets_are_served_with_their_faults() {
    for (name, text) in [
        ("empty", ""),
        ("no-toml", "[set\nname = 1"),
        ("no-lens", "[set]\nname = \"A\"\n"),
        ("odd", "[[lens]]\nname = 3\n"),
    ] {
        let folder = folder(&format!("set-{name}"));
        std::fs::write(folder.join("SET.toml"), text).unwrap();
        let page = Served::of(folder, &[]);
        let state = page.state();
        assert!(!state["faults"].as_array().unwrap().is_empty(), "{name}");
        assert_eq!(page.get("/lens?lens=0").status, 422, "{name}");
        // mended on disk, it goes on
        std::fs::write(page.folder.join("SET.toml"), include_str!("../../src/set/template.toml")).unwrap();
        page.wait(|state| state["elsewhere"]["gone"] == false);
        page.post("/settle", &json!({ "theirs": true }));
        assert_eq!(page.get("/lens?lens=0").status, 200, "{name}");
    }
}

#[test]
fn a_readings_file_outside_the_sets_folder_is_not_changed() {
    let outer = folder("outside");
    let inner = outer.join("set");
    std::fs::create_dir_all(&inner).unwrap();
    let sample = include_str!("../../samples/SET.toml").replace("\"marble-85.csv\"", "\"../marble-85.csv\"");
    std::fs::write(inner.join("SET.toml"), sample).unwrap();
    let csv = include_str!("../../samples/marble-85.csv");
    std::fs::write(outer.join("marble-85.csv"), csv).unwrap();
    let page = Served::of(inner, &[]);
    assert_eq!(page.state()["faults"], json!([]));
    let edits = json!([{ "kind": "cell", "lens": 2, "ring": "focus", "row": 0, "column": "at", "text": "1 mm" }]);
    let answer = page.edit(edits, "");
    assert_eq!(answer.status, 422);
    assert_eq!(answer.error(), "../marble-85.csv cannot be changed here: it is not at hand beside the set");
    assert_eq!(std::fs::read_to_string(outer.join("marble-85.csv")).unwrap(), csv);
}

#[test]
fn what_cannot_be_opened_is_said_with_a_way_out() {
    let page = Served::samples("taken");
    let (code, out, said) = ringwright(&page, &["page", "SET.toml", "--no-open", "--port", page.port()]);
    assert_eq!((code, out.len()), (Some(2), 0));
    assert_eq!(
        said,
        "error: the page cannot be served: address already in use\n  choose another port, --port, or none for one that is free\n"
    );
    let (code, _, said) = ringwright(&page, &["page", "missing.toml", "--no-open"]);
    assert_eq!(code, Some(2));
    assert!(said.contains("there is no such file"), "{said}");
}

#[test]
fn news_come_to_who_waits_for_them() {
    let page = Arc::new(Served::samples("news"));
    let since = page.state()["news"].as_u64().unwrap();
    let waiting = {
        let page = Arc::clone(&page);
        std::thread::spawn(move || page.get(&format!("/news?since={since}")).json()["news"].as_u64().unwrap())
    };
    std::thread::sleep(std::time::Duration::from_millis(200));
    page.keystroke(4, "at", "32.8 deg");
    assert_eq!(waiting.join().unwrap(), since + 1);
    assert_eq!(page.state()["news"].as_u64().unwrap(), since + 1);
}

fn wild() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        "(put|cell|add|drop|paste|focus|iris|style|lens|lens[.]focus|at|distance|numeral_height|ring[.]width|[ -~\n]{0,8})".prop_map(Value::from),
    ];
    let keys = "(kind|lens|ring|row|rows|column|text|table|key|before|cells|unit|at|distance)";
    leaf.prop_recursive(2, 16, 6, move |inner| {
        prop::collection::hash_map(keys, inner, 0..8).prop_map(|map| Value::Object(map.into_iter().collect()))
    })
}

#[test]
fn wild_changes_are_made_or_refused_and_the_file_stays_toml() {
    let page = Served::samples("wild");
    let mut runner = proptest::test_runner::TestRunner::new(ProptestConfig {
        cases: 300,
        failure_persistence: None,
        ..ProptestConfig::default()
    });
    runner
        .run(&prop::collection::vec(wild(), 0..3), |edits| {
            let answer = page.edit(Value::from(edits), "");
            prop_assert!([200, 409, 422].contains(&answer.status), "{}", answer.status);
            prop_assert!(toml::de::DeTable::parse(&page.file()).is_ok());
            Ok(())
        })
        .unwrap();
    assert_eq!(page.get("/state").status, 200);
}
