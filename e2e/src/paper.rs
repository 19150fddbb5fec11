//! What stands on a printed page.

use std::io::Write;
use std::process::{Command, Stdio};

use anyhow::{Context, Result, ensure};

/// Returns the text of a PDF, if `pdftotext` (of the package poppler-utils) is installed.
///
/// # Errors
///
/// When the tool is there and cannot read the PDF.
pub fn pdf_text(pdf: &[u8]) -> Result<Option<String>> {
    ensure!(pdf.starts_with(b"%PDF-"), "that is no PDF");
    let tool = Command::new("pdftotext")
        .args(["-layout", "-", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn();
    let Ok(mut tool) = tool else { return Ok(None) };
    let mut pipe = tool.stdin.take().context("stdin is piped")?;
    let output = std::thread::scope(|scope| {
        scope.spawn(move || pipe.write_all(pdf));
        tool.wait_with_output()
    })?;
    ensure!(output.status.success(), "pdftotext could not read the PDF");
    Ok(Some(String::from_utf8(output.stdout)?))
}
