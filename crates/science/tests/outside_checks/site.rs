//! Stopping rooms and speeds against worked tables.
