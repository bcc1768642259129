"""Sourced sums, one module a trade topic. A formula is a pure function; it holds no state and reads no file."""
