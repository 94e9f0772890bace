//! A small strictly convex quadratic programme.
