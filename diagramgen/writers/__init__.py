"""Writers: a finished sheet as SVG, PDF or PNG bytes, and bytes as whole files."""
