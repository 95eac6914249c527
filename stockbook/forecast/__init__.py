"""Pure numbers: what will be wanted, and how well what lies there serves it."""
