from starlette.testclient import TestClient
def test_smoke(client: TestClient, tern: str) -> None:
    for q in ("", "?way=vacuum&now=15&usual=19&unit=inHg&basis=vacuum&rpm=850&litres=2.0", "?way=hold&volume=2&before=20&after=15&unit=inHg&basis=vacuum&took=8&took_unit=h&start=20&end=20","?way=boost&target=1&reached=0.8&unit=bar&basis=gauge&rpm=4000&litres=2.0","?way=trims&airflow=3.00&short=12&long=10"):
        r = client.get(f"/cars/{tern}/hole{q}")
        assert r.status_code == 200, r.text[:3000]
        import re
        print(q, re.findall(r'data-answer="(\w+)">([^<]+)<', r.text))
    assert client.get(f"/cars/{tern}/figures").status_code == 200
