"""Papers: the facts of each, frozen when it is asked for, and their pages."""
