"""The promises' pages, one module for each of the part's subjects."""
