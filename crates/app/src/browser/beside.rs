//! A worker beside the page. It may be ended at any moment: a newer question does that.

use std::cell::RefCell;
use std::rc::Rc;

use js_sys::{Object, Reflect};
use serde::de::DeserializeOwned;
use wasm_bindgen::prelude::*;
use web_sys::{MessageEvent, Worker, WorkerOptions, WorkerType};

/// Asks one question after the other; a newer one puts an end to the older.
#[derive(Clone)]
pub struct Beside {
    /// The page's global name for the address of the worker's file.
    file: &'static str,
    state: Rc<RefCell<State>>,
}

#[derive(Default)]
struct State {
    worker: Option<Worker>,
    /// Works on this question; 0: on none.
    busy_with: u32,
    asked: u32,
}

impl Beside {
    /// Returns one that has no worker yet. `file` is the page's global name for the address of its file.
    pub fn new(file: &'static str) -> Self {
        Self { file, state: Rc::default() }
    }

    /// Starts the worker before it is needed, so that the first answer comes soon and the file need not come later.
    pub fn warm_up(&self) {
        if let Some(worker) = self.worker() {
            let _ = worker.post_message(&message(&[]));
        }
    }

    /// Asks; `parts` go beside the page's own module. `hear` is called with everything that is told, up to what `ends`
    /// the answer, and with `None` once when the worker is not to be had: no file, no memory, another version. It is
    /// never called again when a newer question came.
    pub fn ask<T: DeserializeOwned + 'static>(
        &self,
        parts: &[(&str, JsValue)],
        ends: impl Fn(&T) -> bool + 'static,
        hear: impl Fn(Option<T>) + 'static,
    ) {
        self.stop();
        let number = {
            let mut state = self.state.borrow_mut();
            state.asked += 1;
            state.busy_with = state.asked;
            state.asked
        };
        let hear = Rc::new(hear);
        let Some(worker) = self.worker() else {
            self.state.borrow_mut().busy_with = 0;
            return hear(None);
        };
        let (own, told_to) = (self.clone(), Rc::clone(&hear));
        let told = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            if !own.works_on(number) {
                return;
            }
            let told = event.data().as_string().and_then(|text| serde_json::from_str::<T>(&text).ok());
            // Before it is heard: whoever hears may ask the next question.
            match &told {
                Some(told) if ends(told) => own.state.borrow_mut().busy_with = 0,
                Some(_) => {}
                None => own.stop(),
            }
            told_to(told);
        });
        // Both belong to the worker alone: a newer question, or its end, lets go of what they hold.
        worker.set_onmessage(Some(told.into_js_value().unchecked_ref()));
        let own = self.clone();
        let failed = Closure::<dyn FnMut(web_sys::Event)>::new(move |_| {
            if own.works_on(number) {
                own.stop();
                hear(None);
            }
        });
        worker.set_onerror(Some(failed.into_js_value().unchecked_ref()));
        // It fails when there is no memory for it; the worker then says nothing and a newer question ends it.
        let _ = worker.post_message(&message(parts));
    }

    /// Ends the work on a question that nobody asks any more.
    pub fn stop(&self) {
        let mut state = self.state.borrow_mut();
        if state.busy_with != 0 {
            state.busy_with = 0;
            if let Some(worker) = state.worker.take() {
                worker.terminate();
            }
        }
    }

    fn works_on(&self, number: u32) -> bool {
        self.state.borrow().busy_with == number
    }

    fn worker(&self) -> Option<Worker> {
        let mut state = self.state.borrow_mut();
        if state.worker.is_none() {
            let url = Reflect::get(&js_sys::global(), &self.file.into()).ok()?.as_string()?;
            let options = WorkerOptions::new();
            options.set_type(WorkerType::Module);
            state.worker = Worker::new_with_options(&url, &options).ok();
        }
        state.worker.clone()
    }
}

/// What is sent: the page's own module, and the parts of a question.
fn message(parts: &[(&str, JsValue)]) -> Object {
    let message = Object::new();
    let _ = Reflect::set(&message, &"module".into(), &wasm_bindgen::module());
    for (name, value) in parts {
        let _ = Reflect::set(&message, &JsValue::from_str(name), value);
    }
    message
}
