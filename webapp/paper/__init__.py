"""Everything that the workshop prints: quotes, sheets, certificates and labels, as PDF."""
