"""What people sit in front of: screens, line by line, commands."""
