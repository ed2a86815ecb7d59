//! What the terminal has received, and what state that leaves it in.

use super::Size;

/// What is heard beside the picture.
#[derive(Debug, Default, Clone)]
pub struct Ear {
    pub bells: usize,
    pub titles: Vec<String>,
    /// Titles put on the terminal's stack and not taken back.
    pub titles_kept: i32,
    /// Between the begin and the end of a synchronized update.
    pub in_frame: bool,
    /// Synchronized updates that have ended.
    pub frames: usize,
}

impl vt100::Callbacks for Ear {
    fn audible_bell(&mut self, _: &mut vt100::Screen) {
        self.bells += 1;
    }

    fn set_window_title(&mut self, _: &mut vt100::Screen, title: &[u8]) {
        self.titles.push(String::from_utf8_lossy(title).into_owned());
    }

    fn unhandled_csi(&mut self, _: &mut vt100::Screen, mark: Option<u8>, _: Option<u8>, params: &[&[u16]], end: char) {
        match (mark, params, end) {
            (None, [[22], ..], 't') => self.titles_kept += 1,
            (None, [[23], ..], 't') => self.titles_kept -= 1,
            (Some(b'?'), [[2026]], 'h') => self.in_frame = true,
            (Some(b'?'), [[2026]], 'l') => {
                self.frames += usize::from(self.in_frame);
                self.in_frame = false;
            }
            _ => {}
        }
    }
}

/// The terminal as its output has made it.
pub struct Seen {
    parser: vt100::Parser<Ear>,
    pub raw: Vec<u8>,
    /// No program holds the terminal any more.
    pub ended: bool,
}

impl Seen {
    pub fn new(size: Size) -> Self {
        Self { parser: blank(size, Ear::default()), raw: Vec::new(), ended: false }
    }

    pub fn take(&mut self, bytes: &[u8]) {
        self.raw.extend_from_slice(bytes);
        self.parser.process(bytes);
    }

    pub fn screen(&self) -> &vt100::Screen {
        self.parser.screen()
    }

    pub fn ear(&self) -> &Ear {
        self.parser.callbacks()
    }

    /// The last title set; empty if none was.
    pub fn title(&self) -> &str {
        self.ear().titles.last().map_or("", String::as_str)
    }

    pub fn fit(&mut self, size: Size) {
        self.parser.set_size(size.rows(), size.columns());
    }

    /// Makes the terminal a blank one, so that whatever is on it later was painted since.
    pub fn wipe(&mut self, size: Size) {
        let ear = self.ear().clone();
        self.parser = blank(size, ear);
    }

    /// What the output has left of a full-screen program, in words; nothing on a terminal given back.
    pub fn left_behind(&self) -> Vec<&'static str> {
        let (screen, ear) = (self.screen(), self.ear());
        let plain = screen.fgcolor() == vt100::Color::Default && screen.bgcolor() == vt100::Color::Default;
        let weight = screen.bold() || screen.dim() || screen.italic() || screen.underline() || screen.inverse();
        [
            ("alternate screen", screen.alternate_screen()),
            ("hidden cursor", screen.hide_cursor()),
            ("bracketed paste", screen.bracketed_paste()),
            ("application keys", screen.application_cursor() || screen.application_keypad()),
            ("mouse", screen.mouse_protocol_mode() != vt100::MouseProtocolMode::None),
            ("colours", !plain || weight),
            ("title stack", ear.titles_kept != 0),
            ("synchronized update", ear.in_frame),
        ]
        .into_iter()
        .filter_map(|(what, left)| left.then_some(what))
        .collect()
    }
}

fn blank(size: Size, ear: Ear) -> vt100::Parser<Ear> {
    vt100::Parser::new_with_callbacks(size.rows(), size.columns(), 0, ear)
}
