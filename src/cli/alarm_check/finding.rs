//! What was found, and what it comes to.

use serde::Serialize;
use std::io::{self, Write};

/// How good a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Sign {
    Good,
    /// Nobody can tell.
    Unsure,
    /// Not as it should be; it alone keeps nobody asleep.
    Bad,
    /// With this nobody is woken.
    Fatal,
}

/// One thing that was looked at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Finding {
    pub what: String,
    pub sign: Sign,
    pub words: String,
    /// How it is mended; empty where it need not be.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub mend: String,
}

impl Finding {
    pub fn new(what: &str, sign: Sign, words: &str, mend: &str) -> Self {
        Self { what: what.to_owned(), sign, words: words.to_owned(), mend: mend.to_owned() }
    }

    pub fn print(&self, out: &mut dyn Write) -> io::Result<()> {
        let sign = match self.sign {
            Sign::Good => "✓",
            Sign::Unsure => "?",
            Sign::Bad | Sign::Fatal => "✗",
        };
        writeln!(out, "  {sign} {:<10} {}", self.what, self.words)?;
        if !self.mend.is_empty() {
            writeln!(out, "    {:<10} → {}", "", self.mend)?;
        }
        out.flush()
    }
}

/// Will I be woken tonight?
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Verdict {
    pub woken: bool,
    pub words: String,
}

/// Channels that can be heard, or felt, by somebody asleep.
const LOUD: [&str; 4] = ["sound", "command", "post", "mqtt"];

pub(super) fn verdict(findings: &[Finding]) -> Verdict {
    let loud: Vec<&str> = findings
        .iter()
        .filter(|finding| finding.sign == Sign::Good && LOUD.contains(&finding.what.as_str()))
        .map(|finding| finding.what.as_str())
        .collect();
    let fatal: Vec<&str> =
        findings.iter().filter(|f| f.sign == Sign::Fatal).map(|finding| finding.words.as_str()).collect();
    let no = |why: &str| Verdict { woken: false, words: format!("Will you be woken tonight? No: {why}.") };
    if !fatal.is_empty() {
        return no(&fatal.join("; "));
    }
    if loud.is_empty() {
        return no("no channel that wakes anybody works here");
    }
    let doubts =
        findings.iter().filter(|f| f.sign == Sign::Bad && !LOUD.contains(&f.what.as_str()) && f.what != "desktop");
    let doubts: Vec<&str> = doubts.map(|finding| finding.words.as_str()).collect();
    let but = if doubts.is_empty() { String::new() } else { format!(" But: {}.", doubts.join("; ")) };
    let words = format!(
        "Will you be woken tonight? As far as this can be tried, yes: by {}.{but} What matters much deserves a second clock.",
        loud.join(", ")
    );
    Verdict { woken: true, words }
}

/// Everything, as `--json` prints it.
#[derive(Debug, Serialize)]
pub(super) struct CheckFacts<'a> {
    woken: bool,
    verdict: &'a str,
    findings: &'a [Finding],
}

impl<'a> CheckFacts<'a> {
    pub fn new(findings: &'a [Finding], verdict: &'a Verdict) -> Self {
        Self { woken: verdict.woken, verdict: &verdict.words, findings }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn judged(list: &[(&str, Sign)]) -> Verdict {
        let findings: Vec<Finding> = list.iter().map(|(what, sign)| Finding::new(what, *sign, "so", "")).collect();
        verdict(&findings)
    }

    #[test]
    fn only_what_can_be_heard_wakes_anybody() {
        assert!(judged(&[("sound", Sign::Good), ("desktop", Sign::Bad)]).woken);
        assert!(judged(&[("sound", Sign::Bad), ("post", Sign::Good)]).woken);
        assert!(!judged(&[("desktop", Sign::Good), ("bell", Sign::Good), ("sound", Sign::Bad)]).woken);
    }

    #[test]
    fn what_is_fatal_decides_and_what_is_bad_is_said() {
        let words = judged(&[("sound", Sign::Good), ("watch", Sign::Fatal)]).words;
        assert_eq!(words, "Will you be woken tonight? No: so.");
        assert!(judged(&[("sound", Sign::Good), ("clock", Sign::Bad)]).words.contains("But: so."));
    }
}
