"""What a person does to a car's order: one function, one transaction each."""
