"""python -m defectlog"""

from defectlog.cli.main import main

if __name__ == "__main__":
    main()
