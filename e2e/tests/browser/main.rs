//! The app as people use it, in a real browser.

mod coach;
mod conditions;
mod data;
mod digits;
mod first_run;
mod helper;
mod language;
mod lesson;
mod papers;
mod password;
mod safe;
mod screens;
mod sound;
mod times;
mod tools_work;
mod trackside;
