"""One line: ends, throats, body, servings and marks, made on a bench by a route."""
