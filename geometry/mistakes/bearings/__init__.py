"""Big-end caps and shells put in wrong."""
