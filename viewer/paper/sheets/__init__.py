"""What an installer takes along: sheets to scale, tables, a PDF of all of them."""
