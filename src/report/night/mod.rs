//! A night's plan in words, for the terminal and the screen.

mod answer;
mod times;

pub use answer::{alternative_words, answer_words, cost_words, finish_words};
pub use times::{percent_words, pour_line_words, weekday_clock, window_words};
