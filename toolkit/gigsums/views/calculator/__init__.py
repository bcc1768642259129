"""A calculator being used, and the view that draws any of them."""
