//! What README claims is run here.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

const README: &str = include_str!("../README.md");

/// The fenced blocks of a language.
fn blocks(language: &str) -> Vec<&'static str> {
    let fence = format!("```{language}\n");
    README.split(fence.as_str()).skip(1).map(|rest| rest.split("```").next().unwrap()).collect()
}

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn ringwright(folder: &Path, arguments: &[&str]) -> (bool, String) {
    let run = Command::new(env!("CARGO_BIN_EXE_ringwright")).args(arguments).current_dir(folder).output().unwrap();
    (run.status.success(), String::from_utf8(run.stderr).unwrap())
}

fn tour(folder: &Path, skip_new: bool) {
    let mut commands = 0;
    for line in blocks("sh").into_iter().flat_map(str::lines) {
        let words: Vec<&str> = line.split_whitespace().collect();
        assert_eq!(words[0], "ringwright", "{line}");
        if words[1] == "page" {
            opened(folder, words[2]);
        } else if !(skip_new && words[1] == "new") {
            let (done, said) = ringwright(folder, &words[1..]);
            assert!(done, "{line}\n{said}");
        }
        commands += 1;
    }
    assert_eq!(commands, 9);
}

/// The page is there, at the address on the first line, and shows the set.
fn opened(folder: &Path, set: &str) {
    let mut page = Command::new(env!("CARGO_BIN_EXE_ringwright"))
        .args(["page", set, "--no-open"])
        .current_dir(folder)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut first = String::new();
    BufReader::new(page.stdout.take().unwrap()).read_line(&mut first).unwrap();
    let host = first.trim().strip_prefix("http://").unwrap().trim_end_matches('/').to_string();
    let asked = |path: &str| {
        let mut stream = TcpStream::connect(&host).unwrap();
        write!(stream, "GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer
    };
    let (shown, state) = (asked("/"), asked("/state"));
    page.kill().unwrap();
    page.wait().unwrap();
    assert!(host.starts_with("127.0.0.1:"), "{host}");
    assert!(shown.starts_with("HTTP/1.1 200") && shown.contains("<title>ringwright</title>"));
    assert!(state.starts_with("HTTP/1.1 200") && state.contains("\"faults\":[]"), "{state}");
}

#[test]
fn every_command_of_the_tour_runs_on_the_file_that_new_writes() {
    let folder = folder("tour-new");
    tour(&folder, false);
    let strips = std::fs::read_dir(folder.join("strips")).unwrap().count();
    assert_eq!(strips, 9);
    assert!(folder.join("plots").read_dir().unwrap().count() == 2);
}

#[test]
fn the_tours_own_set_file_draws_and_fits() {
    let folder = folder("tour-own");
    let toml = blocks("toml");
    std::fs::write(folder.join("mine.toml"), toml[0]).unwrap();
    tour(&folder, true);
    let (_, said) = ringwright(&folder, &["draw", "mine.toml", "--out", "again"]);
    assert!(!said.contains("look:"), "the tour's lens should leave no doubt:\n{said}");
}

#[test]
fn the_tables_of_the_processes_are_read_and_their_commands_run() {
    let folder = folder("tour-processes");
    let toml = blocks("toml");
    assert_eq!(toml.len(), 5);
    std::fs::write(folder.join("mine.toml"), toml.join("\n")).unwrap();
    let console = blocks("console");
    let commands: Vec<&str> = console.iter().flat_map(|block| block.lines()).collect();
    assert_eq!(commands.len(), 5);
    for line in commands {
        let words: Vec<&str> = line.split_whitespace().collect();
        let run =
            Command::new(env!("CARGO_BIN_EXE_ringwright")).args(&words[1..]).current_dir(&folder).output().unwrap();
        let said = String::from_utf8(run.stderr).unwrap();
        // bridges of 0.3 mm in small numerals leave gaps that are too narrow, which the check says
        let expected = if words[1] == "check" { 1 } else { 0 };
        assert_eq!(run.status.code(), Some(expected), "{line}\n{said}");
        // the tour's faces are too narrow for what a knife can cut
        let told = said.contains("alone are drawn") || said.contains("has room for them");
        assert_eq!(told, line.contains("vinyl"), "{line}\n{said}");
    }
    let names = |out: &str| -> Vec<String> {
        std::fs::read_dir(folder.join(out)).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect()
    };
    let cut = names("vinyl");
    for file in [
        "sandstone-58-focus.svg",
        "sandstone-58-focus.dxf",
        "sandstone-58-focus-transfer.svg",
        "quarry-sheets.pdf",
        "quarry-sheet-1.svg",
        "quarry-sheet-1.dxf",
        "quarry-transfers.pdf",
        "quarry-application.pdf",
    ] {
        assert!(cut.iter().any(|name| name == file), "{file} is not in {cut:?}");
    }
    let engraved = std::fs::read_to_string(folder.join("engrave/sandstone-58-focus.svg")).unwrap();
    assert!(engraved.contains("x in degrees of turn"));
}

#[test]
fn the_schema_that_is_named_is_of_its_draft_and_says_units() {
    let command = "ringwright schema marks";
    assert!(README.contains(&format!("`{command}` prints")));
    let arguments: Vec<&str> = command.split_whitespace().skip(1).collect();
    let run = Command::new(env!("CARGO_BIN_EXE_ringwright")).args(arguments).output().unwrap();
    assert!(run.status.success());
    let schema: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    let mark = &schema["$defs"]["FocusMark"]["properties"];
    assert!(mark["arc_mm"]["description"].as_str().unwrap().ends_with("along the flat strip, mm."), "{mark}");
}

#[test]
fn the_fault_that_is_shown_is_what_a_user_sees() {
    let folder = folder("tour-fault");
    let shown = blocks("text")[0];
    let toml =
        blocks("toml")[0].replacen("diameter = \"84 mm\", width = \"14 mm\"", "diameter = 84, width = \"14 mm\"", 1);
    std::fs::write(folder.join("mine.toml"), &toml).unwrap();
    let (done, said) = ringwright(&folder, &["draw", "mine.toml", "--out", "strips"]);
    assert!(!done);
    assert_eq!(said.trim_end(), shown.trim_end());
    assert!(!folder.join("strips").exists(), "nothing is written");
}

#[test]
fn the_first_command_names_a_file_that_is_there_and_the_picture_is_what_it_draws() {
    assert!(README.contains("cargo run --release -- draw samples/SET.toml --out strips"));
    assert!(README.contains("\n    tests/run "));
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let out = folder("picture").join("strips");
    let arguments = ["draw", "samples/SET.toml", "--dpi", "300", "--format", "png", "--out", out.to_str().unwrap()];
    let (done, said) = ringwright(root, &arguments);
    assert!(done, "{said}");
    let picture = "samples/slate-28-focus.png";
    assert!(README.contains(picture));
    let drawn = std::fs::read(out.join("slate-28-focus.png")).unwrap();
    let shown = std::fs::read(root.join(picture)).unwrap();
    assert!(
        drawn == shown,
        "README's picture is not what the program draws; look at the new one and copy it: {}",
        out.display()
    );
}
