//! Where bench readings come from.

pub mod logger_file;
