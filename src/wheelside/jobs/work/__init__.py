"""The work: what is due, the plan, the air card, the sheet, and doing it with a phone in hand."""
