"""One job: its entries, its file, and what replaying them says."""
