"""How answers look: answer in, text out; no questions and no arithmetic of its own."""
