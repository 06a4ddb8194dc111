"""What managers do to people, practices and the laboratory's details, and how a form is answered once."""
