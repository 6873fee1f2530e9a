"""Answers to pages: terminal, plain text, JSON. Nothing here reads the book."""
