"""Pure numbers: properties first, the published example beside them."""
