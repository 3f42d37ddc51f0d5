//! The sheet as one HTML file: no script, nothing from outside, and XML as well as HTML, so that any reader takes it.

use std::fmt::Write;

use super::diagram::diagram;
use super::typeset::Type;
use super::{Application, contents};
use crate::lettering::LetteringError;
use crate::write::svg;

const STYLE: &str = "
:root { color-scheme: light dark; --ink: #111; --ground: #fff; --line: #999; --warn: #a40; }
body { max-width: 56rem; margin: 2rem auto; padding: 0 1rem; color: var(--ink); background: var(--ground);
  font: 1.05rem/1.5 system-ui, sans-serif; overflow-wrap: anywhere; }
h1 { font-size: 1.7rem; line-height: 1.2; } h2 { font-size: 1.3rem; border-bottom: 1px solid var(--line); }
h3 { font-size: 1.1rem; }
.cautions dt { font-weight: bold; color: var(--warn); } .cautions dd { margin: 0 0 0.6rem; }
.cautions { border-left: 0.3rem solid var(--warn); padding-left: 1rem; }
ol { padding-left: 2.5rem; } li { margin: 0.5rem 0; }
input { width: 1.1rem; height: 1.1rem; margin: 0 0.5rem 0 0; vertical-align: -0.15rem; }
table { border-collapse: collapse; width: 100%; }
caption { text-align: left; font-weight: bold; padding: 0.5rem 0; }
th, td { text-align: left; vertical-align: top; border-top: 1px solid var(--line); padding: 0.6rem 0.6rem 0.6rem 0; }
td dl { display: grid; grid-template-columns: 8rem 1fr; gap: 0.15rem 0.8rem; margin: 0; }
td dt { font-weight: bold; } td dd { margin: 0; }
td svg { max-width: 100%; height: auto; min-width: 12rem; }
section.lens { margin-bottom: 2rem; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e8e8e8; --ground: #161616; --line: #666; --warn: #ff9d5c; }
  svg [fill='#000'] { fill: #e8e8e8; }
}
@media (max-width: 45rem) { thead { display: none; } tr, th, td { display: block; }
  td, tbody th { border-top: none; padding: 0.2rem 0; } tr { border-top: 1px solid var(--line); } }
@page { size: A4; margin: 15mm 15mm 15mm 20mm; }
@media print {
  :root { --ink: #000; --ground: #fff; --line: #666; --warn: #000; }
  svg [fill='#000'] { fill: #000; }
  body { max-width: none; margin: 0; padding: 0; font-size: 10pt; line-height: 1.35; }
  h1 { font-size: 16pt; } h2 { font-size: 12pt; } h3, caption { font-size: 11pt; }
  h2, h3, caption, thead { break-after: avoid; } li, tr, .cautions div { break-inside: avoid; }
}
";

/// The sheet as the text of an HTML file.
///
/// # Errors
/// When the shipped face cannot set the words of a picture.
pub fn html(application: &Application) -> Result<String, LetteringError> {
    let contents = contents(application);
    let mut setter = Type::new()?;
    let mut out = String::new();
    let title = escaped(&contents.title);
    out.push_str("<!DOCTYPE html>\n<html lang=\"en\" xmlns=\"http://www.w3.org/1999/xhtml\">\n<head>\n");
    out.push_str("<meta charset=\"utf-8\"/>\n");
    out.push_str("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n");
    put(&mut out, format_args!("<title>{title}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<main>\n"));
    put(&mut out, format_args!("<h1><bdi>{title}</bdi></h1>\n"));
    for sentence in &contents.lead {
        put(&mut out, format_args!("<p>{}</p>\n", escaped(sentence)));
    }
    out.push_str("<section>\n<h2>Cautions</h2>\n<dl class=\"cautions\">\n");
    for caution in &contents.cautions {
        let (heading, text) = (escaped(caution.heading()), escaped(caution.text()));
        put(&mut out, format_args!("<div><dt>{heading}</dt><dd>{text}</dd></div>\n"));
    }
    out.push_str("</dl>\n</section>\n");
    let mut number = 1;
    for part in &contents.parts {
        put(&mut out, format_args!("<section>\n<h2>{}</h2>\n<ol start=\"{number}\">\n", escaped(&part.heading)));
        for step in &part.steps {
            put(&mut out, format_args!("<li><label><input type=\"checkbox\"/>{}</label></li>\n", escaped(step)));
        }
        out.push_str("</ol>\n</section>\n");
        number += part.steps.len();
    }
    if !contents.lenses.is_empty() {
        out.push_str("<section>\n<h2>What goes where</h2>\n");
        for (lens, table) in application.lenses.iter().zip(&contents.lenses) {
            let name = escaped(&table.name);
            put(&mut out, format_args!("<section class=\"lens\">\n<h3><bdi>{name}</bdi></h3>\n"));
            if !table.rows.is_empty() {
                out.push_str("<table>\n<thead><tr><th scope=\"col\">Piece</th><th scope=\"col\">Picture, not to ");
                out.push_str("scale</th><th scope=\"col\">How it lies</th></tr></thead>\n<tbody>\n");
            }
            for (piece, row) in lens.pieces.iter().zip(&table.rows) {
                let heading = escaped(&row.heading);
                let ticked = format!("<label><input type=\"checkbox\"/>{heading}</label>");
                put(&mut out, format_args!("<tr><th scope=\"row\">{ticked}</th>\n<td>"));
                out.push_str(svg(&diagram(&mut setter, piece, &application.process, &row.heading)?).trim_end());
                out.push_str("</td>\n<td><dl>\n");
                for (name, value) in &row.facts {
                    put(&mut out, format_args!("<dt>{name}</dt><dd><bdi>{}</bdi></dd>\n", escaped(value)));
                }
                out.push_str("</dl></td></tr>\n");
            }
            if !table.rows.is_empty() {
                out.push_str("</tbody>\n</table>\n");
            }
            out.push_str("</section>\n");
        }
        out.push_str("</section>\n");
    }
    out.push_str("</main>\n</body>\n</html>\n");
    Ok(out)
}

fn put(out: &mut String, text: std::fmt::Arguments) {
    // a string takes every text
    let _ = out.write_fmt(text);
}

/// The text with nothing in it that a reader takes for markup, and U+FFFD where XML 1.0 (section 2.2) allows nothing.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' => out.push(' '),
            // a carriage return, controls of both ranges (HTML allows neither) and what is no character
            '\0'..='\x1f' | '\x7f'..='\u{9f}' | '\u{fdd0}'..='\u{fdef}' => out.push(char::REPLACEMENT_CHARACTER),
            other if u32::from(other) & 0xfffe == 0xfffe => out.push(char::REPLACEMENT_CHARACTER),
            other => out.push(other),
        }
    }
    out
}
