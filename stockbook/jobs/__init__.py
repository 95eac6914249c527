"""What people do and ask: gather, decide with the domain, post or answer."""
