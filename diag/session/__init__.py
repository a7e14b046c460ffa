"""One job being worked on: a case, its file, and what it says now. Screens and the line mode share it."""
