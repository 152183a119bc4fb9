"""From the parts to a book on the shelf: plates of exercises, what is kept from the last build, pages, files."""
