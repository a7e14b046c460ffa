"""Safe writes, locks, and the few operations that touch the disk."""
