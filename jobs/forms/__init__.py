"""What people type, checked at the field."""
