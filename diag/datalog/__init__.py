"""A data log as evidence: reading a logger's text file, finding its phases, and what it says with what uncertainty."""
