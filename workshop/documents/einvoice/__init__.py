"""The e-invoice: an issued paper as EN 16931 has it, written as UBL, as CII, and as a PDF with the CII in it."""
