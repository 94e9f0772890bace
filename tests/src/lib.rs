//! Whole-product tests live beside this file.
