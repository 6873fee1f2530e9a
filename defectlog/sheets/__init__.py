"""CSV folders and Excel workbooks in and out: rows to records and problems, and records to rows."""
