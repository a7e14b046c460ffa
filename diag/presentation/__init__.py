"""What people read: wording, reasons in English, pictures, reports."""
