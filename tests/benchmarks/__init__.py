"""Speed of the service against floors measured in the same run. Not tests: nothing here is collected by pytest."""
