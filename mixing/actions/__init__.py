"""What people do at the bench; each action in one transaction."""
