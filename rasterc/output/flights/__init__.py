"""Flights in words, tables and pictures; read `text` first."""
