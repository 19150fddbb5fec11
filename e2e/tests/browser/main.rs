//! The app as people use it, in a real browser.

mod tools_work;
