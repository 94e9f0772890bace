//! The device in the client's hands.
