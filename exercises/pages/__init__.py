"""The printed pages: templates filled, what was typed made harmless, each written whole or not."""
