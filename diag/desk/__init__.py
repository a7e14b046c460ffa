"""The jobs of a team on a database server: one queue, one person at a time on each job, nothing rewritten."""
