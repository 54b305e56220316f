"""Why the others lost, what would change the answer, what looking closer is worth."""
