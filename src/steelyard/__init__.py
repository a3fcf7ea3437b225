"""Steelyard: what a plate-loaded lever gym puts in your hands, and the session that follows from it."""
