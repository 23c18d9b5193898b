"""The screens (Textual): thin, no SQL, no arithmetic."""
