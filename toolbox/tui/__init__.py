"""The screens: a Textual interface to what the desk does. No rule of the work lives here."""
