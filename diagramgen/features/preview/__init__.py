"""The live preview: a build file watched, drawn anew when it is saved, and shown in a page on this machine alone."""
