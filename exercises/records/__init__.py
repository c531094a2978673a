"""A trainee's record, to print and to sign, and how it is checked against the sheets afterwards."""
