//! The worker beside the page that plans lessons and learns what is typical of a class. It may be ended at any moment:
//! a newer question does that.

use std::cell::RefCell;
use std::rc::Rc;

use js_sys::{Object, Reflect};
use wasm_bindgen::prelude::*;
use web_sys::{MessageEvent, Worker, WorkerOptions, WorkerType};

use crate::logic::beside::{Question, Told};

/// What the planner says.
pub enum News {
    /// Something that the worker tells.
    Told(Told),
    /// The worker is not to be had: no file, no memory, another version.
    Broken,
}

/// What is sent: the page's own module, and a question.
fn message(asked: Option<&str>) -> Object {
    let message = Object::new();
    let _ = Reflect::set(&message, &"module".into(), &wasm_bindgen::module());
    if let Some(asked) = asked {
        let _ = Reflect::set(&message, &"asked".into(), &JsValue::from_str(asked));
    }
    message
}

/// Asks one question after the other; a newer one puts an end to the older.
#[derive(Clone, Default)]
pub struct Planner(Rc<RefCell<State>>);

#[derive(Default)]
struct State {
    worker: Option<Worker>,
    /// Works on this question; 0: on none.
    busy_with: u32,
    asked: u32,
}

impl Planner {
    /// Starts the worker before it is needed, so that the first answer comes soon and the file need not come later.
    pub fn warm_up(&self) {
        if let Some(worker) = self.worker() {
            let _ = worker.post_message(&message(None));
        }
    }

    /// Asks; `hear` is called with everything that is told until the next question.
    pub fn ask(&self, asked: &Question, hear: impl Fn(News) + 'static) {
        self.stop();
        let number = {
            let mut state = self.0.borrow_mut();
            state.asked += 1;
            state.busy_with = state.asked;
            state.asked
        };
        let hear = Rc::new(hear);
        let Some(worker) = self.worker() else {
            self.0.borrow_mut().busy_with = 0;
            return hear(News::Broken);
        };
        let (own, told_to, ending) = (self.clone(), Rc::clone(&hear), asked.ending());
        let told = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            if own.0.borrow().busy_with != number {
                return;
            }
            let told = event.data().as_string().and_then(|text| serde_json::from_str::<Told>(&text).ok());
            let news = match told {
                Some(told) => {
                    if ending.is(&told) {
                        own.0.borrow_mut().busy_with = 0;
                    }
                    News::Told(told)
                }
                None => own.broken(),
            };
            told_to(news);
        });
        // Both belong to the worker alone: a newer question, or its end, lets go of what they hold.
        worker.set_onmessage(Some(told.into_js_value().unchecked_ref()));
        let own = self.clone();
        let failed = Closure::<dyn FnMut(web_sys::Event)>::new(move |_| {
            if own.0.borrow().busy_with == number {
                let news = own.broken();
                hear(news);
            }
        });
        worker.set_onerror(Some(failed.into_js_value().unchecked_ref()));
        let text = serde_json::to_string(asked).unwrap_or_default();
        // It fails when there is no memory for the text; the worker then says nothing and a newer question ends it.
        let _ = worker.post_message(&message(Some(&text)));
    }

    /// Ends the work on a question that nobody asks any more.
    pub fn stop(&self) {
        let mut state = self.0.borrow_mut();
        if state.busy_with != 0 {
            state.busy_with = 0;
            if let Some(worker) = state.worker.take() {
                worker.terminate();
            }
        }
    }

    fn broken(&self) -> News {
        let mut state = self.0.borrow_mut();
        state.busy_with = 0;
        if let Some(worker) = state.worker.take() {
            worker.terminate();
        }
        News::Broken
    }

    fn worker(&self) -> Option<Worker> {
        let mut state = self.0.borrow_mut();
        if state.worker.is_none() {
            let url = Reflect::get(&js_sys::global(), &"lanewrightPlanner".into()).ok()?.as_string()?;
            let options = WorkerOptions::new();
            options.set_type(WorkerType::Module);
            state.worker = Worker::new_with_options(&url, &options).ok();
        }
        state.worker.clone()
    }
}
