"""Sales: the page at the stall, the sale document, receipts."""
