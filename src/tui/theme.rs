//! Colours by meaning. Every meaning also has a second sign (a letter, a shape, weight), so colour is never needed.

use ratatui::style::{Color, Modifier, Style};

/// Which palette the terminal gets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Palette {
    /// 24-bit colours for a dark background.
    Dark,
    /// 24-bit colours for a light background.
    Light,
    /// The terminal's own 16 colours, legible on dark and light.
    Sixteen,
    /// No colour at all: weight, underline and reverse only.
    Plain,
}

/// What a piece of text means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Ordinary text, in the terminal's own colours.
    Text,
    /// What may be overlooked: units, rules, hints.
    Faint,
    /// Names and headings.
    Title,
    /// The next thing to do, and where the keys go.
    Focus,
    /// A stage that was seen.
    Seen,
    /// The part of a stage's time that has passed.
    Cured,
    /// A stage inside its band.
    Near,
    /// Wants attention.
    Warn,
    /// Rings.
    Alarm,
    /// The bench temperature.
    Temperature,
    /// Resin that flows.
    Liquid,
    /// Resin that has gelled.
    Gel,
    /// Resin that is hard.
    Hard,
}

impl Palette {
    /// The palette for this environment: `NO_COLOR` and dumb terminals get none, the rest by what they can show.
    pub fn detect(env: impl Fn(&str) -> Option<String>, colours: ColourDepth) -> Self {
        if env("NO_COLOR").is_some_and(|v| !v.is_empty()) || colours == ColourDepth::None {
            return Palette::Plain;
        }
        if colours == ColourDepth::Sixteen {
            return Palette::Sixteen;
        }
        // COLORFGBG is "foreground;background", set by several terminals; 7 and 9 to 15 are light backgrounds.
        let background = env("COLORFGBG").and_then(|v| v.rsplit(';').next().and_then(|b| b.parse::<u8>().ok()));
        match background {
            Some(7 | 9..=15) => Palette::Light,
            _ => Palette::Dark,
        }
    }

    /// How text of this role looks.
    pub fn style(self, role: Role) -> Style {
        let weight = match role {
            Role::Alarm => Modifier::BOLD | Modifier::REVERSED,
            Role::Warn if self == Palette::Plain => Modifier::BOLD | Modifier::UNDERLINED,
            Role::Title | Role::Focus | Role::Near | Role::Warn => Modifier::BOLD,
            Role::Faint if self == Palette::Plain || self == Palette::Sixteen => Modifier::DIM,
            _ => Modifier::empty(),
        };
        let style = Style::new().add_modifier(weight);
        self.colour(role).map_or(style, |colour| style.fg(colour))
    }

    fn colour(self, role: Role) -> Option<Color> {
        let rgb = |dark: u32, light: u32| Some(Color::from_u32(if self == Palette::Light { light } else { dark }));
        match (self, role) {
            (Palette::Plain, _) | (_, Role::Text | Role::Title) => None,
            (Palette::Sixteen, role) => match role {
                Role::Focus => Some(Color::Magenta),
                Role::Seen => Some(Color::Green),
                Role::Cured | Role::Temperature | Role::Liquid => Some(Color::Cyan),
                Role::Near | Role::Warn | Role::Gel => Some(Color::Yellow),
                Role::Alarm => Some(Color::Red),
                Role::Faint | Role::Text | Role::Title | Role::Hard => None,
            },
            (_, Role::Faint) => rgb(0x00_8a_8f_98, 0x00_6b_70_78),
            (_, Role::Focus) => rgb(0x00_e8_a8_5c, 0x00_8f_4a_00),
            (_, Role::Seen) => rgb(0x00_9c_c2_8a, 0x00_33_6b_2a),
            (_, Role::Cured) => rgb(0x00_7f_b4_c4, 0x00_1f_61_78),
            (_, Role::Near) => rgb(0x00_e6_c9_6a, 0x00_7a_5c_00),
            (_, Role::Warn) => rgb(0x00_f0_9a_6a, 0x00_a0_3c_0a),
            (_, Role::Alarm) => rgb(0x00_f2_84_7c, 0x00_b0_1c_1c),
            (_, Role::Temperature) => rgb(0x00_b9_a3_dc, 0x00_5a_3c_96),
            (_, Role::Liquid) => rgb(0x00_86_b6_e8, 0x00_1d_54_94),
            (_, Role::Gel) => rgb(0x00_cf_b4_7c, 0x00_7d_5f_1e),
            (_, Role::Hard) => rgb(0x00_a9_b7_ae, 0x00_4c_5a_52),
        }
    }
}

/// How many colours the terminal shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ColourDepth {
    None,
    Sixteen,
    Many,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn env<'a>(pairs: &'a [(&'a str, &'a str)]) -> impl Fn(&str) -> Option<String> + 'a {
        |key| pairs.iter().find(|(k, _)| *k == key).map(|(_, v)| (*v).to_owned())
    }

    #[test]
    fn no_color_wins_over_everything() {
        assert_eq!(Palette::detect(env(&[("NO_COLOR", "1")]), ColourDepth::Many), Palette::Plain);
        assert_eq!(Palette::detect(env(&[("NO_COLOR", "")]), ColourDepth::Many), Palette::Dark);
    }

    #[test]
    fn the_background_is_taken_from_the_terminal_where_it_says() {
        assert_eq!(Palette::detect(env(&[("COLORFGBG", "0;15")]), ColourDepth::Many), Palette::Light);
        assert_eq!(Palette::detect(env(&[("COLORFGBG", "15;default;0")]), ColourDepth::Many), Palette::Dark);
        assert_eq!(Palette::detect(env(&[]), ColourDepth::Sixteen), Palette::Sixteen);
    }

    #[test]
    fn plain_never_has_a_colour_but_tells_alarms_apart() {
        for role in [Role::Text, Role::Faint, Role::Alarm, Role::Warn, Role::Seen] {
            assert_eq!(Palette::Plain.style(role).fg, None);
        }
        assert_ne!(Palette::Plain.style(Role::Alarm), Palette::Plain.style(Role::Text));
        assert_ne!(Palette::Plain.style(Role::Warn), Palette::Plain.style(Role::Text));
    }
}
