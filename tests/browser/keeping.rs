//! Nothing that was done is lost.
