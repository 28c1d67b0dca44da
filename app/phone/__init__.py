"""What a phone needs of the garage: a name and a certificate on the home network, pairing, and the gate."""
