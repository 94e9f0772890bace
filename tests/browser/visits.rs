//! The log of visits.
