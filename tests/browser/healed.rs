//! The healed brows measured.
