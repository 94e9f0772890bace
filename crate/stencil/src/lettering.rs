//! Words in lines, without a font at hand.
