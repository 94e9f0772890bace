//! The healed brows measured against what was agreed, and what is learned.
