//! The design on a device of the client's own.
