"""What the site is made of: tasks, facts in and bytes out."""
