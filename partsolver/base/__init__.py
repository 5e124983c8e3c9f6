"""What every room stands on: errors, quantities, text files, records, parallel work. Knows nothing of PCs."""
