# server
