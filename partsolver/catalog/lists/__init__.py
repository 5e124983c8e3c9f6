"""Price lists: spreadsheets, tables of text, pasted text. What a column means is settled once per seller."""
