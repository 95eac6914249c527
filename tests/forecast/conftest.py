"""How long an example takes depends on who else uses the machine: the profile sets no limit."""

import strategies  # noqa: F401 loads the profile
