"""Simulated lifters with a hidden truth, to try advice on before a person does."""
