"""Pages and the files beside them."""
