//! Whole histories in one thread: phones, a bad network, and a server with its store.
//!
//! Every phone runs the app's own rules ([`lanewright_app::logic::replica`]), the server is a real
//! [`Store`]; only disks, clocks, the network and the people are played here, from a seed. The same seed plays the
//! same history, which its digest proves. At the end the network heals, everyone exchanges until nothing moves, and
//! the history is judged.
//!
//! # The contract
//! *Shown* means that the app has told its user that a write is saved; *acked*, that the server has proven to hold it.
//! - Nothing acked is lost: the server holds it or a later write of the same fact, or it named an erased child.
//! - Nothing shown is lost, unless it named an erased child, or its phone was set back to an older backup before the
//!   server had it.
//! - Both hold too when the server's data is put back from an older copy: the phones bring what it has lost.
//! - Nothing appears that nobody wrote, and nothing appears twice.
//! - No older word of a phone stands in the place of its own later one, unless somebody else spoke in between.
//! - Nothing names a child whose erasure the server has: not there, and on no phone, whatever was written when.
//! - Whoever hears the server ends up with the very same records.
//!
//! A write of which nobody knows whether it was saved (the phone died while saving) may be there or not, but whole.

mod judge;
mod phone;
mod play;

pub use judge::{Fault, Verdict};
pub use play::{Site, World, play};

/// A flaw put in on purpose: the judge has to find it, or it proves nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flaw {
    /// The outbox is emptied as soon as a push is on its way.
    OutboxClearedBySending,
    /// The server acks before it stores, and now and then dies in between.
    AckBeforeStore,
    /// A push that was not answered is sent again under new names.
    NewNamesOnRetry,
    /// The write that arrives last stands, whatever its stamp.
    LastToArriveStands,
    /// Stamps that the server accepted are measured against the phone's own clock once more and passed over if they lie
    /// far ahead of it.
    StampsMeasuredAgain,
    /// A write is shown as saved before the phone has saved it.
    ShownBeforeSaved,
    /// Phones do not ask whether the server still stands where it told them.
    HistoryPassedOver,
    /// A phone lets later stamps outlive an erasure, as it would with any other write.
    ErasureByStamp,
    /// A phone takes away what it holds when it hears of an erasure, and forgets about it.
    ErasureOnlyOnce,
    /// A phone whose clock was set back goes on under the same name, and cannot tell what it wrote before.
    OneNameForEver,
}
