"""Pages and buttons of the car's path, one file a page family."""
