"""Design questions: sizing and setting a fuel system before anything is wrong."""
