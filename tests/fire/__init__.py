"""Nothing acknowledged is lost, doubled or torn: servers killed, disks filled, connections cut."""
