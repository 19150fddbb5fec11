//! The worker beside the page that listens to a take. It may be ended at any moment: a newer question does that.

use std::cell::RefCell;
use std::rc::Rc;

use js_sys::{Float32Array, Object, Reflect};
use lanewright_listen::Findings;
use wasm_bindgen::prelude::*;
use web_sys::{MessageEvent, Worker, WorkerOptions, WorkerType};

use super::listen;
use crate::logic::sound::Asked;

/// Asks one question after the other; a newer one puts an end to the older.
#[derive(Clone, Default)]
pub struct Listener(Rc<RefCell<State>>);

#[derive(Default)]
struct State {
    worker: Option<Worker>,
    /// Works on this question; 0: on none.
    busy_with: u32,
    asked: u32,
}

impl Listener {
    /// Starts the worker before it is needed, so that the answer comes soon and the file need not come later.
    pub fn warm_up(&self) {
        if let Some(worker) = self.worker() {
            let message = Object::new();
            let _ = Reflect::set(&message, &"module".into(), &wasm_bindgen::module());
            let _ = worker.post_message(&message);
        }
    }

    /// Asks; `hear` is called once with the answer, or with nothing when the worker is not to be had. It is never
    /// called when a newer question came first.
    pub fn ask(
        &self,
        samples: &[f32],
        rate_hz: u32,
        asked: &Asked,
        hear: impl Fn(Option<Findings>) + 'static,
    ) {
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
            return hear(None);
        };
        let (own, told_to) = (self.clone(), Rc::clone(&hear));
        let told = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            if own.0.borrow().busy_with == number {
                own.0.borrow_mut().busy_with = 0;
                told_to(event.data().as_string().and_then(|text| serde_json::from_str(&text).ok()));
            }
        });
        worker.set_onmessage(Some(told.as_ref().unchecked_ref()));
        told.forget();
        let own = self.clone();
        listen(&worker, "error", move |_| {
            if own.0.borrow().busy_with == number {
                own.stop();
                hear(None);
            }
        });
        let message = Object::new();
        let text = serde_json::to_string(asked).unwrap_or_default();
        for (name, value) in [
            ("module", wasm_bindgen::module()),
            ("samples", Float32Array::from(samples).into()),
            ("rate", rate_hz.into()),
            ("asked", text.into()),
        ] {
            let _ = Reflect::set(&message, &name.into(), &value);
        }
        // It fails when there is no memory for the samples; the worker then says nothing and a newer question ends it.
        let _ = worker.post_message(&message);
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

    fn worker(&self) -> Option<Worker> {
        let mut state = self.0.borrow_mut();
        if state.worker.is_none() {
            let url = Reflect::get(&js_sys::global(), &"lanewrightListener".into()).ok()?.as_string()?;
            let options = WorkerOptions::new();
            options.set_type(WorkerType::Module);
            state.worker = Worker::new_with_options(&url, &options).ok();
        }
        state.worker.clone()
    }
}
