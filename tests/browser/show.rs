//! What the client sees and agrees to, from the artist's side.
