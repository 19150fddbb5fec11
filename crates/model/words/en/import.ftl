# import
