"""A gig being put together or moved about, and the view that shows how far a desk carries it."""
