//! The screens.

mod child;
mod class;
mod icons;
mod import;
mod kit;
mod lanes;
mod line_up;
mod measure;
mod parts;
mod shell;
mod today;

pub use shell::Shell;
