//! The fairest tail under bounds.
