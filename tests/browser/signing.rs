//! What the client reads, answers and signs.
