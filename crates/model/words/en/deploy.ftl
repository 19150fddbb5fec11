# A server behind a proxy, and several on one database.

server-database = The data is kept in the database that { $file } names.
server-proxy = Only what the proxy at { $proxy } passes on is answered.
problem-not-through-proxy-title = This request did not come through the proxy.
problem-not-through-proxy-detail = Open the https:// address of the proxy. If this is it, the proxy has to pass requests on from the address that --proxy names, with the header X-Forwarded-Proto: https.
