"""Writers: each turns a score or a book into one kind of file."""
