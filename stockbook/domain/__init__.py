"""Pure facts and rules: no input, no output, no clock."""
